import{a as t}from"./part-Y3SU5E6L.js";var o=()=>({title:"Charts",root:t("section",null,t("h1",null,"Charts"))});export{o as make};
