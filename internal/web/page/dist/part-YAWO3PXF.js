import{a as t}from"./part-Y3SU5E6L.js";var o=()=>({title:"Text",root:t("section",null,t("h1",null,"Text"))});export{o as make};
