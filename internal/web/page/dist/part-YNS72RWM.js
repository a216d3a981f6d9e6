import{a as t}from"./part-Y3SU5E6L.js";var o=()=>({title:"Texts",root:t("section",null,t("h1",null,"Texts"))});export{o as make};
